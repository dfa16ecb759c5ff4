"""The trade's knowledge, from YAML files to one immutable `Model`.

In: `knowledge/` and `shared/`, and packs laid over them. Out: a `Model` (see `model`) and every problem
found, each with file, line and column. Reads and checks; does not reason and does not print.
"""

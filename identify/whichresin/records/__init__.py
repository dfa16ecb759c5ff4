"""Finished and running jobs in one SQLite file: what was believed, planned, used and what became of it.

In: plain values. Out: plain values. It knows no plastics, decides nothing and prints nothing; it refuses to change
what was written: outcomes, notes and photographs are added, never overwritten.
"""

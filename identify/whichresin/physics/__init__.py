"""Densities that follow from physics: water, filled plastics.

Plain functions of numbers with the unit in the name. The room reads no files, knows no plastic by name, and
refuses with one sentence (ValueError) whatever lies outside the range in which a formula holds.
"""

"""whichresin: from bench answers to class, polymer, filler, confidence and the next question."""

__version__ = "0.1.0"

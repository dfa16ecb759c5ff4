"""The closed lists of the trade's words, and how text from outside is shown safely.

In: plain lists of words (the `knowledge` room reads them from `shared/`). Out: the word, or an error that
names the nearest known one. Imports nothing of ours and knows no file of `knowledge/`.
"""

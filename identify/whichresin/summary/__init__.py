"""One page of a finished interview: as text, and as an HTML page that stands alone.

Takes a result and the course that led to it; puts both into sentences, a table and a picture. Computes no belief.
"""

"""The teacher's side: hidden parts, gate cards, what an attempt was worth, and what a class mixes up."""

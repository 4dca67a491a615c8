"""Answers as people and machines read them: printed text, run card, JSON."""

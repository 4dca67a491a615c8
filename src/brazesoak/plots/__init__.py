"""Figures of an answer. No global plotting state; matplotlib is loaded only here."""

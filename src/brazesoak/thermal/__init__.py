"""The thermal model: bodies, contacts, surroundings, in SI. Knows no cells."""

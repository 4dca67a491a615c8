"""The one room that knows both vocabularies: a thermal model becomes cells and faces, and is simulated."""

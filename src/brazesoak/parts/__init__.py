"""Segments and joints: shapes, mass, surface, contact area. SI; knows no time."""

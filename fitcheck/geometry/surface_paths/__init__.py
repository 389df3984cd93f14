"""Shortest ways over the surfaces of solids and through the air beside them, each with a proven lower bound."""

"""Shortest ways through air around solid insulation, each with a proven lower bound."""

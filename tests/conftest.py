"""Puts this folder on the import path, so that tests in every folder find `engine_layouts`."""

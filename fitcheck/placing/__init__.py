"""Where every part stands, as a function of the toleranced values that place and size it."""

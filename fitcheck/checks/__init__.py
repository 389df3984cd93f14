"""One module per check, a pure function each, with the page of the check on top."""

"""Heights to be found: which spacers, risers and frames, from which stock, and which screws then fit."""

"""From the parts to the axles: what both builds do to the vehicle that carries them."""

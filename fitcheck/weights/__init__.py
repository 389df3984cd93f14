"""What every part weighs and where, and what both builds come to."""

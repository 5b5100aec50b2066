"""What wraps round: tuck cartons, sleeves, bands, bags."""

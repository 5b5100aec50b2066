"""What things are: frozen values, no algorithms."""

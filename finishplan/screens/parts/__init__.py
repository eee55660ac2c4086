"""What pages are built of."""

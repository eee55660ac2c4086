"""Drawing and printing: figures as SVG text."""

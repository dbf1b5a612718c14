"""What is shown, for machines: exact values as JSON and CSV."""

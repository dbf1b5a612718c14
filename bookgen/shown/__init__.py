"""What is shown, in records: figures into words and numbers that no medium has printed yet."""

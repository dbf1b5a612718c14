"""What is shown, as text for the terminal."""

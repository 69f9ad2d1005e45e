"""What is bought and how it is cut: bars, sheets and foam, with the least waste."""

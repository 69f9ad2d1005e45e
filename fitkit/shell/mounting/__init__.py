"""What holds mounted items: rails, sub-panels, battens, blocks, and the screws through them."""

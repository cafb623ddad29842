"""What tests share: assertions and small hand-made workshops."""

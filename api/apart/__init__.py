"""Work that may hang, grow or die, done in a short-lived process of its own."""

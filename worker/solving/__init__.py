"""One plan's work, or that of one part of a study: claim it, think, listen meanwhile, publish what came out."""

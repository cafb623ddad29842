"""What-ifs over HTTP: variants, comparisons, the slip table, levers."""

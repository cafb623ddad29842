"""An order of work on many scenarios inside the compiled part: what it costs on average, and the order that costs
least."""

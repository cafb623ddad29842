"""Planning for what may come: the plan that costs least on average over many scenarios, and what that is worth."""

"""Documents, plans and records as earlier versions wrote them."""

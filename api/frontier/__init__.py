"""The trade-off list over HTTP: plans that weigh kilograms of waste against days."""

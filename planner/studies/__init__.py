"""Studies: questions about a plan that fall into parts, worked out wherever there is room and put together again."""

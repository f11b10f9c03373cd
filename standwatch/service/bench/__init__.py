"""At the bench: what is wound, regulated, asked of a stopped clock, and told of a new one."""

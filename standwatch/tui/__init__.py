"""The terminal face: it shows what the service says and asks for facts. It decides nothing."""

"""What the maker does at the own lathe: mandrels of one's own, the route of a pen, test pieces."""

"""One file a step; none is ever changed once it has been shipped."""

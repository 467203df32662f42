"""The whole way of a lot as a few readable modules, called by every door."""

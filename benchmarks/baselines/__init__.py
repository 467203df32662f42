"""The same work without Haywright, written as its best friend would."""

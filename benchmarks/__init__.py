"""Speed as ratios: ours against the same work written as its best friend would."""

"""Examples of what programs send, in one invented scenario; ``examples.json`` by operation."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

EXAMPLES: dict[str, dict[str, Any]] = json.loads(
    Path(__file__).with_suffix(".json").read_text("utf-8")
)

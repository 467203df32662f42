"""Writes the digest of each table into its manifest entry, after a table was changed on purpose."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

TABLES = Path(__file__).resolve().parents[1] / "src" / "haywright" / "sources" / "tables"


def main() -> None:
    for table in sorted(path for path in TABLES.iterdir() if path.is_file()):
        digest = hashlib.sha256(table.read_bytes()).hexdigest()
        for name in (f"{table.name}.toml", f"{table.stem}.toml"):
            entry = TABLES / "manifest.d" / name
            if not entry.exists():
                continue
            text = entry.read_text(encoding="utf-8")
            line = f'sha256 = "{digest}"'
            new = re.sub(r"^sha256\s*=.*$", line, text, flags=re.MULTILINE)
            if line not in new:
                new = text.rstrip("\n") + f"\n{line}\n"
            if new != text:
                entry.write_text(new, encoding="utf-8")
                print(entry.name)
            break
        else:
            print(f"{table.name}: no entry in manifest.d")


if __name__ == "__main__":
    main()

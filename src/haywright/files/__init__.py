"""What comes in and goes out: an office in small as folders of TOML and CSV, and spreadsheets."""

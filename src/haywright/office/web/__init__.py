"""The look: base templates, the one stylesheet, and the tags pages are written with."""

"""What an animal needs a day: one module per subject, editions chosen by name.

Where a source that was read can serve, it is the default. Where only a recalled one is known it
serves with its mark: what is worked out of it says so.
"""

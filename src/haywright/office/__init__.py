"""The office: people, lots, bags and sheets in a browser, kept for good (a Django project).

``start`` is its only door for the command line. Inside, one action per thing that can happen is
the only door to a write; reads go through policies that answer both "may I" and "which ones".
"""

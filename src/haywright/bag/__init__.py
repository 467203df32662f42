"""The sample: the bag, its code, who had it, and which tests to order.

What is known between the first core and the bench door.
"""

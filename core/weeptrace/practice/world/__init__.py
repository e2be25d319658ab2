"""A car, its place and its people: physical, and able to get hurt. SI inside.

It judges harm by physics alone and knows nothing of rules, job or screen, so that what a page says
can be tried on it. The inside of the circuit is ``practice.state``; heat, engine, place and hands
are added here.

``cars`` says what a car and its place are and reads them from a file's ``[world]`` table; ``drawn``
makes a car by a seed; ``harms`` holds what hurts, from what on; ``acts`` is the closed list of what
a body does; ``world.World`` puts them together.
"""

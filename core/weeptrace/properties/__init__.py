"""What things are: water, air, and coolant of glycol and water. SI inside, one topic a module."""

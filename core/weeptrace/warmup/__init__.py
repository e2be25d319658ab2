"""Warm-up: thermostat, fan, heater, gas, air still inside."""

"""Sugarwright: a calibrated twin of one maple sugarhouse.

The library behind the ``sugarwright`` command. Import from the room that holds what you need:

- ``sugarwright.physics.solution``, ``.boiling``, ``.membrane`` ...: pure functions with sources
- ``sugarwright.plant.read_house``, ``.assemble``, ``.simulate``: the described house and its runs
- ``sugarwright.weather.files``: hourly weather
- ``sugarwright.planning.today``: today's plan

``docs/architecture.md`` has the map.
"""

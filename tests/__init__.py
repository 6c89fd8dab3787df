"""The suite: a folder a room, a file an action. `room.py` holds the cast, `conftest.py` the stage."""

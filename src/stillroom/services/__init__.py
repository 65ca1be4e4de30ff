"""One verb a file: the only place where records, physics and paper meet.

``from stillroom.services.assess import assess``; nothing is exported here, as a verb and its file have one name.
"""

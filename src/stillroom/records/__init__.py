"""What is stored, and for whom: organisations, people, cabinets, rooms, assessments, files.

A Django app. Everything belongs to an organisation, and every query of a page goes through `tenancy.visible`.
"""

"""What is typed into a new job: seven people, invented, and two dives."""

CREW = """Ana Reyes, supervisor
Bo Lund, diver; tender, 100
Cy Fox, diver; tender, 100
Di Berg, diver; tender, 100
Ed Moss, tender; log keeper; air console
Fi Sand, tender
Gus Holm, tender"""

DIVES = """Cut pile 4, 40, 30, 1
Look at anodes, 30, 20, 2"""

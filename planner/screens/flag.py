"""The app's mark: flag A of the International Code of Signals, "I have a diver down; keep well clear".

White at the hoist, blue at the fly, swallowtailed. Kept as text here so that no picture has to be fetched.
"""

FLAG_ALPHA_SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64">'
    '<path d="M2 10H32V54H2Z" fill="#fafaf7" stroke="#0b468c" stroke-width="2"/>'
    '<path d="M32 9H63L46 32L63 55H32Z" fill="#0b468c"/>'
    "</svg>"
)

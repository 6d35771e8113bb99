"""E5xx and W5xx: goods that are not pressed, and children's wear that waits for a signature."""

TEXT = """\
E501 Children's sleepwear

Sleepwear for children up to size 14 must pass a flame test with all that is on it (United States: 16 CFR 1615 and
1616). A print can make it fail. The line must be taken out.

W501 Sleepwear

None of these pieces may go to a child. The rules for children's sleepwear cover sizes up to 14.

E502 Protective wear

Flame-resistant clothing, high-visibility vests and the like protect by their material. Heat and a print can take
that away without anyone seeing it. The line must be taken out unless the maker has agreed in writing.

E503 Polypropylene

The fibre softens below the temperature at which transfers are pressed: the fabric shrinks or melts onto the
platen. It is refused unless the shop has a transfer that names polypropylene, after a test press of its own.

E504 Coated fabric or PVC

Heated PVC gives off harmful fumes, and an unknown coating melts onto the press. Nothing of the kind is heated.

E505 Children's wear waits for a signature

What is sold for children must keep limits for lead and phthalates, and a print counts like the garment (United
States: 16 CFR 1303, 1307, 1500.91). Someone responsible looks at the transfer's test reports and signs in the job
file: `safety_signed: {by: NAME, on: DATE}`. Until then the order is held.

E506 Signed on a day to come

The signature bears a date in the future. Write the day on which it was given.
"""

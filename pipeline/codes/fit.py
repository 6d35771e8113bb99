"""E4xx and W4xx: whether a print can be made at all: transfer, size, place and day."""

TEXT = """\
E401 The transfer does not hold on the fabric

Why a transfer may not be used for a print (told with E411 or E412): a fibre that makes up 5 % or more of the
fabric is not among the `fabrics` of the transfer. It would come off in the wash.

E402 Too hot for the garment

Why a transfer may not be used for a print (told with E411 or E412): it is pressed hotter than the
`heat_ceiling` of the garment. The fabric would scorch, shine, shrink or melt.

E403 The fabric stretches further

Why a transfer may not be used for a print (told with E411 or E412): the fabric gives more than the transfer
follows. The print would crack.

E404 Not over a pad

Why a transfer may not be used for a print (told with E411 or E412): the placement needs a pad under the fabric,
which changes the pressure, and the recipe of the transfer does not allow one.

E405 The dye would wander

Why a transfer may not be used for a print (told with E411 or E412): the garment is a dyed polyester, and the
recipe is hotter than the shop's `dye_limit`. The dye turns to vapour and stains the print, often only days
later.

E406 No sheet is large enough

Why a transfer may not be used for a print (told with E411 or E412): the print does not lie on any of its sheets
within the margin, not even turned where the order allows it.

E407 No press can press it

Why a transfer may not be used for a print (told with E411 or E412): no single press reaches the temperature and
the pressure of the recipe and takes a platen of the placement.

E408 No platen is large enough

Why a transfer may not be used for a print (told with E411 or E412): the platens of the placement that go on a
press for this transfer leave, less their edge, too little room.

E409 Not the transfer that is wanted

Why a transfer may not be used for a print: the order names another. It is never told by itself: with E412 the
hint names those that would suit if the order named them.

E410 The transfer comes too late

Why a transfer may not be used for a print (told with E411 or E412): counted in working days it arrives after
the last day on which the order can be ready. When all else about a transfer suits, E423 tells the day instead.

E411 No transfer suits

None of the shop's transfers may be used for this print on this garment: fabric, heat ceiling, stretch, pad, size
of the sheet, or the day rules each of them out. The hint lists them with the reason. Pressed anyway, the print
would come off, the fabric scorch, or the dye wander. Choose another garment, placement or size, or buy a transfer
that suits.

E412 The wanted transfer does not suit

The order names a transfer that may not be used here, for the reasons given. Leave the line out, or choose one of
the transfers in the hint.

E413 Larger than its placement

The print is larger than the garment's file allows at this placement: it would run over a seam, a zip or a hem.

E414 Larger than every platen

The print is larger than the platens for this placement less their edge. The press would not hold all of it.

E415 Larger than every sheet

No sheet of any transfer, less its margin, has room for the print.

W405 Characters that the papers cannot set

A name, an address or a note holds characters that the bundled fonts do not have. They print as empty boxes. Write
them in letters that the fonts have.

W416 One size for children and grown-ups

A print that suits a grown-up is large for a child. Write a `scale` for the children's sizes, or leave it as it is
if the customer wants it so.

E417 The same print twice at one place

Two prints of a line put the same picture at the same placement. Delete one.

W418 Prints that overlap

Two prints of a garment lie over each other. The upper one sticks less well on the lower one than on fabric, and
the lower one is pressed twice. Right if it is meant.

E419 Too small to print

The print, or a part of a scale, is smaller than the finest line of every transfer. Write a larger size.

E421 Due in the past

The due date lies before the day on which the week is planned.

W422 Due on a day off

The due date is a day on which the shop does not work. The order will be ready on the working day before.

E423 Due before everything can arrive

Transfers or blanks cannot be here in time to press and deliver by the due date. The hint names the first day that
can be kept. Agree that day with the customer, or have the goods brought faster and shorten `lead_days`.

E424 The tax certificate has expired

The customer is exempt from tax by a certificate that is no longer valid. Charging no tax would be the shop's own
loss. Ask for a new certificate and enter its day, or delete `exemption`.

W424 The tax certificate expires soon

The certificate is valid today but not on the due date. Ask for the new one now.
"""

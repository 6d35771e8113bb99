"""E4xx and W4xx: whether a print can be made at all: transfer, size, place and day."""

TEXT = """\
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

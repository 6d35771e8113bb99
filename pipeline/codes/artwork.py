"""E3xx and W3xx: artwork files and their quality."""

TEXT = """\
E301 The artwork is missing

There is no such file in the shop's folder. Paths are written from that folder with `/`, and capitals count, even
on systems where they do not: the folder must work on the other ones too.

E302 The path leads elsewhere

Artwork must lie in the shop's folder. A path that begins at the root of the disk, climbs up with `..`, follows a
link, or holds a character that some systems forbid is refused: job files come from outside, and none may make
this program open other files. Copy the artwork into the shop's folder and name it from there.

E303 The artwork cannot be read

The file is broken or cut off, is another kind than its name says, holds several pictures or pages, or lies on its
side. What would be printed is uncertain, so the order waits. Ask for the file again, or export it from the
drawing as PNG, JPEG, TIFF, SVG or PDF.

E304 Something in the SVG that may not be there

An SVG can hold scripts, refer to other files, and name parts that grow without end; and some of what it may hold
(masks, filters, live text, transparent groups) is drawn otherwise by each program. The message names the element
and its line. Export the drawing as plain SVG with text as outlines, as PDF, or as PNG with transparency.

E305 The PDF is encrypted

The file is protected by a password or by restrictions. Ask for it without.

E306 The artwork is too large

The file has more bytes, pixels or elements than are read: 50 MB, 150 million pixels, 50,000 drawn elements. At
300 pixels per inch of the printed size a file stays far below. Export it again at that size.

E307 The artwork changed meanwhile

Between checking and printing, the file became another. The papers would show what nobody checked, so the run
stopped and nothing was recorded. Run again.

E331 Too few pixels

At the printed size the picture has fewer pixels per inch than the shop accepts (`refuse_under_ppi`). It would
look coarse. Print it smaller, or ask for a larger file; enlarging the picture in a program adds no detail.

W331 Few pixels

At the printed size the picture has fewer pixels per inch than the shop wants (`warn_under_ppi`). Look at it at
full size before the transfers are ordered.

E332 An opaque white background

The border of the picture is white and not transparent, so a white box would be printed around the motif. Ask for
the file with a transparent background. If the box is meant, give it another shade or a frame.

W332 A white ground behind a drawing

The SVG or PDF is white and opaque along its whole border, so a white box is printed around the motif. Design
programs often put such a sheet of paper behind a drawing. Take it out, unless the box is meant.

E333 Proportions do not match

The width and height that are ordered do not have the picture's proportions, so it would be stretched. Give only
one of the two, or correct one.

W334 A drawing that may print otherwise than it was drawn

Something in the SVG is written in a way that is not understood here, or asks for what is not drawn here: layers
that are mixed, a gradient that repeats, rules for a screen. A shape whose colour cannot be read has none (in a
gradient it is black), one that cannot be moved or turned stays where it was, one that cannot be cut to a shape is
printed whole. The message quotes what was said while it was drawn. Export the drawing again with shapes and plain
colours, or look at its sheet before you send it.
"""

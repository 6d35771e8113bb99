"""E7xx: the command line, the shop's folder and its plugins."""

TEXT = """\
E700 The command cannot be carried out as given

A file or folder that is named does not exist, holds no job file, or no shop can be found above it. The message
says which. `peelwright --help` lists the commands.

E701 A plugin that is not installed

shop.yaml names a plugin that no installed package offers. Install the package, or take the name out.

E702 A function that is no hook

A plugin implements a hook that does not exist; it would never be called. Most likely the name is misspelt.
`peelwright plugins` lists the hooks.

E703 Two plugins replace the same step

For this step one plugin's answer is taken, and two want to replace the built-in one. Keep one of them, or make one
a wrapper that changes the other's result.

E706 A placement that no drawing shows

The garment's outline has no such place to measure from, so the press instruction could not be drawn. Measure from
one of the places that the hint names.
"""

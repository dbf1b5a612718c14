"""The press: HTML leaves into PDF, PDFs into one binder, files into the output folder.

It knows nothing of the trade. In the order of work: `cuts` (type ready for setting), `piece` (what comes out),
`render` (one leaf, one PDF), `cache` (PDFs kept by digest), `bind` (PDFs into one; `joined` where that cannot be),
`folder` (the output folder, whole or not at all).
"""

"""The desk's page without an installation: one HTML file, and a folder of the same for any host.

A tool of the checkout: ``python -m render.one_file OUT`` writes ``OUT/evenstroke.html`` and
``OUT/folder/``. It is in no wheel, and nothing imports it. In the file runs the same application
(``inside.py``), on Python as WebAssembly (Pyodide) in a worker (``scripts/worker.js``), over a
folder in memory that is written to the browser's storage before each answer (``scripts/files.js``).
The pages are shown in the top document (``scripts/pages.js``).
"""

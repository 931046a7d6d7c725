"""The manual as a folder of pages that a browser shows without a network: formulas, templates, materials, guides.

Nothing in it is written twice: the formulas come from the catalogue, the templates with their sheets, inputs and checks
from the shipped workbooks, the guides from the hosts, the look and the search from the panel of the browser host.

``page``       what every page has: head, search, contents; and the making of elements
``formulas``   a page for each family
``templates``  a page for each template
``guides``     the hosts' guides, written in Markdown
``search``     what is found by words, and the script that finds it
``folder``     the pages put together and written
"""

from stillbook.manual.folder import Manual, write

__all__ = ["Manual", "write"]

"""Drives a running LibreOffice for the tests: reads requests as lines of JSON, and answers each with one.

It is run by the Python that LibreOffice's own bridge is installed for, so it uses nothing of Stillbook.
"""

import contextlib
import json
import sys
import time

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException
from com.sun.star.lang import DisposedException
from com.sun.star.table.CellContentType import EMPTY, FORMULA, VALUE

FILTERS = {"xlsx": "Calc MS Excel 2007 XML", "ods": "calc8", "pdf": "calc_pdf_Export"}


def property_value(name, value):
    made = PropertyValue()
    made.Name, made.Value = name, value
    return made


class Driver:
    def __init__(self, pipe, seconds=90):
        resolver = uno.getComponentContext().ServiceManager.createInstance("com.sun.star.bridge.UnoUrlResolver")
        end = time.monotonic() + seconds
        while True:
            try:
                self.context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
                break
            except NoConnectException:
                if time.monotonic() > end:
                    raise
                time.sleep(0.1)
        self.desktop = self.context.ServiceManager.createInstance("com.sun.star.frame.Desktop")
        self.document = None

    def open(self, url):
        """Open a file, or a new workbook from private:factory/scalc."""
        self.close()
        self.document = self.desktop.loadComponentFromURL(url, "_blank", 0, (property_value("Hidden", True),))
        return [sheet.Name for sheet in self.document.Sheets]

    def close(self):
        if self.document is not None:
            self.document.close(True)
            self.document = None

    def cells(self, sheet):
        """A sheet by its name, or by its place counted from 0."""
        return self.document.Sheets[sheet]

    def version(self):
        """The version of LibreOffice: 7.4 as a pair of numbers."""
        provider = self.context.ServiceManager.createInstance("com.sun.star.configuration.ConfigurationProvider")
        path = property_value("nodepath", "/org.openoffice.Setup/Product")
        view = provider.createInstanceWithArguments("com.sun.star.configuration.ConfigurationAccess", (path,))
        return [int(part) for part in view.getByName("ooSetupVersion").split(".")[:2]]

    def type(self, sheet, cell, text):
        """Type into a cell: a formula in English, a number or text."""
        self.cells(sheet).getCellRangeByName(cell).setFormula(text)

    def enter(self, sheet, cell, text):
        """Type into a cell as a person does, so that LibreOffice tells those who listen."""
        controller = self.document.CurrentController
        controller.select(self.cells(sheet).getCellRangeByName(cell))
        dispatcher = self.context.ServiceManager.createInstance("com.sun.star.frame.DispatchHelper")
        dispatcher.executeDispatch(controller.Frame, ".uno:EnterString", "", 0, (property_value("StringName", text),))

    def undo(self):
        """Undo a step; gives the names of those that can be undone still."""
        manager = self.document.getUndoManager()
        manager.undo()
        return list(manager.getAllUndoActionTitles())

    def modified(self):
        """Whether the workbook is marked as changed, and whether there is a step to undo."""
        return [self.document.isModified(), self.document.getUndoManager().isUndoPossible()]

    def modules(self):
        """The modules of the user's own library of Basic."""
        name = "com.sun.star.script.ApplicationScriptLibraryContainer"
        library = self.context.ServiceManager.createInstanceWithContext(name, self.context).getByName("Standard")
        return list(library.ElementNames)

    def add_module(self, name, source):
        name_of = "com.sun.star.script.ApplicationScriptLibraryContainer"
        library = self.context.ServiceManager.createInstanceWithContext(name_of, self.context).getByName("Standard")
        library.insertByName(name, source)

    def protect(self, sheet, password=""):
        self.cells(sheet).protect(password)

    def warned(self):
        """Whether a line above the cells says that nothing calculates."""
        return self.document.CurrentController.hasInfobar("stillbook")

    def type_all(self, sheet, typed):
        self.document.lockControllers()
        for cell, text in typed.items():
            self.type(sheet, cell, text)
        self.document.unlockControllers()

    def type_column(self, sheet, cells, formulas):
        self.cells(sheet).getCellRangeByName(cells).setFormulaArray(tuple((formula,) for formula in formulas))

    def column(self, sheet, cells):
        """The values of a column of cells at once; nothing for an error."""
        return [row[0] for row in self.cells(sheet).getCellRangeByName(cells).getDataArray()]

    def type_array(self, sheet, cells, text):
        self.cells(sheet).getCellRangeByName(cells).setArrayFormula(text)

    def add_sheet(self, name):
        """Put a new sheet behind the others."""
        self.document.Sheets.insertNewByName(name, self.document.Sheets.Count)

    def clear(self, sheet, cells):
        self.cells(sheet).getCellRangeByName(cells).clearContents(1 | 2 | 4 | 16)

    def formula(self, sheet, cell):
        return self.cells(sheet).getCellRangeByName(cell).getFormula()

    def shown(self, sheet, cell):
        return self.cells(sheet).getCellRangeByName(cell).String

    def value(self, sheet, cell):
        """The value of a cell: a number, text, nothing, or an error as its number in Calc and as it is shown."""
        return self.cell_value(self.cells(sheet).getCellRangeByName(cell))

    def cell_value(self, at):
        kind = at.Type
        if kind == EMPTY:
            return None
        if kind == FORMULA:
            if at.getError():
                return {"error": at.getError(), "shown": at.String}
            kind = at.FormulaResultType2
            return at.Value if kind == 1 else at.String
        return at.Value if kind == VALUE else at.String

    def values(self, sheet, cells):
        return {cell: self.value(sheet, cell) for cell in cells}

    def formula_cells(self, sheet):
        """The values of all cells of a sheet that hold a formula, by row and column counted from 1."""
        page = self.cells(sheet)
        used = page.createCursor()
        used.gotoEndOfUsedArea(False)
        last = used.RangeAddress
        # All is one question to LibreOffice; it leaves out the errors, which are asked for one by one.
        values = page.getCellRangeByPosition(0, 0, last.EndColumn, last.EndRow).getDataArray()
        found = []
        for block in page.queryContentCells(16).RangeAddresses:
            for row in range(block.StartRow, block.EndRow + 1):
                for column in range(block.StartColumn, block.EndColumn + 1):
                    value = values[row][column]
                    told = self.cell_value(page.getCellByPosition(column, row)) if value is None else value
                    found.append((row + 1, column + 1, told))
        return found

    def recalculate(self):
        """Calculate everything anew; gives the seconds it took."""
        started = time.perf_counter()
        self.document.calculateAll()
        return time.perf_counter() - started

    def save_as(self, url):
        """Save under a name, which the workbook has from then on."""
        suffix = url.rpartition(".")[2]
        self.document.storeAsURL(url, (property_value("FilterName", FILTERS[suffix]),))

    def save(self, url):
        """Save a copy."""
        suffix = url.rpartition(".")[2]
        self.document.storeToURL(url, (property_value("FilterName", FILTERS[suffix]),))

    def function(self, name):
        """What the function wizard shows of a function."""
        descriptions = self.context.ServiceManager.createInstance("com.sun.star.sheet.FunctionDescriptions")
        found = {each.Name: each.Value for each in descriptions.getByName(name)}
        return {
            "name": found["Name"],
            "category": found["Category"],
            "description": found["Description"],
            "arguments": [
                {"name": each.Name, "description": each.Description, "optional": each.IsOptional}
                for each in found["Arguments"]
            ],
        }

    def functions(self, prefix):
        descriptions = self.context.ServiceManager.createInstance("com.sun.star.sheet.FunctionDescriptions")
        return [name for name in descriptions.ElementNames if name.startswith(prefix)]

    def methods(self, interface):
        """The methods of an interface as LibreOffice has read them from its type libraries."""
        name = "/singletons/com.sun.star.reflection.theTypeDescriptionManager"
        described = self.context.getByName(name).getByHierarchicalName(interface)
        return {
            member.Name.rpartition("::")[2]: [(p.Name, p.Type.Name) for p in member.Parameters]
            for member in described.Members
        }

    def quit(self):
        self.close()
        with contextlib.suppress(DisposedException):
            self.desktop.terminate()


def main():
    driver = Driver(sys.argv[1])
    print(json.dumps({"gives": "ready"}), flush=True)
    for line in sys.stdin:
        name, arguments = json.loads(line)
        try:
            answer = {"gives": getattr(driver, name)(*arguments)}
        except Exception as error:  # the test shows it
            answer = {"failed": f"{type(error).__name__}: {error}"}
        print(json.dumps(answer), flush=True)


main()

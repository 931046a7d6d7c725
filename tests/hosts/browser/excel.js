// Excel as the add-in sees it: the functions it registers, and a workbook of a few cells.
//
// The forms follow the published types of the custom functions runtime and of the Office JavaScript API: arguments of a
// matrix come as rows, an argument left out as null, a repeated argument as a list of ranges, an error as an object of
// CustomFunctions.Error; a property of a range can be read only after it was loaded and the context synchronised.

{
  const functions = {};

  class CustomFunctionsError {
    constructor(code, message) {
      if (!Object.values(ErrorCode).includes(code)) throw new TypeError(`no such error code: ${code}`);
      if (["#REF!", "#NAME?"].includes(code)) throw new TypeError(`${code} cannot be given back`);
      if (message !== undefined && !["#VALUE!", "#N/A"].includes(code)) throw new TypeError(`${code} carries no message`);
      this.code = code;
      this.message = message;
    }
  }

  class GivenError {
    constructor(code) {
      this.code = code;
    }
  }

  const ErrorCode = {
    invalidValue: "#VALUE!",
    notAvailable: "#N/A",
    divisionByZero: "#DIV/0!",
    invalidNumber: "#NUM!",
    nullReference: "#NULL!",
    invalidName: "#NAME?",
    invalidReference: "#REF!",
  };

  window.CustomFunctions = {
    Error: CustomFunctionsError,
    ErrorCode,
    associate(id, body) {
      if (id in functions) throw new Error(`${id} is associated twice`);
      functions[id] = body;
    },
  };

  window.Office = { HostType: { Excel: "Excel" }, onReady: () => Promise.resolve({ host: "Excel", platform: "PC" }) };
  // As the vendor's script does.
  history.pushState = null;
  history.replaceState = null;

  // --- calling functions ---------------------------------------------------------------------------------------------

  const read = (value) => {
    if (Array.isArray(value)) return value.map(read);
    return value && typeof value === "object" && value.error ? new GivenError(value.error) : value;
  };

  const isMatrix = (value) => Array.isArray(value) && Array.isArray(value[0]);

  /** An argument as Excel hands it over: always rows, or null where it is left out. */
  const handed = (value) => (value === null ? null : isMatrix(value) ? read(value) : [[read(value)]]);

  const shown = (cell) => (cell instanceof CustomFunctionsError ? { code: cell.code, message: cell.message ?? "" } : cell);

  async function calculateOne({ name, arguments: values, cell, given }, metadata) {
    const { parameters } = metadata[name];
    const repeated = parameters.at(-1)?.repeating ? parameters.length - 1 : Infinity;
    const single = values.slice(0, repeated).map(handed);
    while (single.length < Math.min(parameters.length, repeated)) single.push(null);
    if (repeated !== Infinity) single.push(values.length > repeated ? values.slice(repeated).map((value) => handed(value ?? "")) : null);
    const invocation = { functionName: name, address: cell, parameterAddresses: given ?? undefined };
    try {
      const answer = await functions[name](...single, invocation);
      if (!isMatrix(answer) || answer.some((row) => row.length !== answer[0].length)) throw new TypeError("not a matrix");
      return answer.map((row) => row.map(shown));
    } catch (error) {
      if (error instanceof CustomFunctionsError) return shown(error);
      throw error;
    }
  }

  // --- a workbook ----------------------------------------------------------------------------------------------------

  const column = (letters) => [...letters].reduce((sum, letter) => sum * 26 + letter.charCodeAt(0) - 64, 0);
  const letters = (number) => (number > 26 ? letters(Math.floor((number - 1) / 26)) : "") + String.fromCharCode(65 + ((number - 1) % 26));

  function area(address) {
    const match = /^\$?([A-Z]+)\$?(\d+)(?::\$?([A-Z]+)\$?(\d+))?$/.exec(address);
    if (!match) throw new Error(`${address} is not an address`);
    const [, left, top, right = left, bottom = top] = match;
    return { top: Number(top), left: column(left), bottom: Number(bottom), right: column(right) };
  }

  const book = {
    sheets: { Sheet1: { cells: {} } },
    active: "Sheet1",
    selected: "A1",
    listeners: [],
    calculated: 0,
    reads: 0,
  };

  class Loadable {
    #loaded = new Set();
    #values = {};
    load(names) {
      for (const name of names.split(",").map((each) => each.trim())) this.#loaded.add(name);
      this.context.pending.push(() => {
        for (const name of this.#loaded) this.#values[name] = this.get(name);
      });
      return this;
    }
    value(name) {
      if (!(name in this.#values)) throw new Error(`the property ${name} was not loaded`);
      return this.#values[name];
    }
  }

  class Range extends Loadable {
    constructor(context, sheet, where) {
      super();
      Object.assign(this, { context, sheet, where });
    }
    get address() { return this.value("address"); }
    get values() { return this.value("values"); }
    get valueTypes() { return this.value("valueTypes"); }
    get formulas() { return this.value("formulas"); }
    set formulas(rows) {
      this.context.pending.push(() => {
        const { protection, cells } = book.sheets[this.sheet];
        if (protection) throw new Error("The sheet is protected.");
        const { top, left } = this.where;
        rows.forEach((row, r) => row.forEach((formula, c) => (cells[`${letters(left + c)}${top + r}`] = { formula })));
      });
    }
    get isNullObject() { return !this.where; }
    get worksheet() { return new Worksheet(this.context, this.sheet); }
    getCell(r, c) {
      const top = this.where.top + r;
      const left = this.where.left + c;
      return new Range(this.context, this.sheet, { top, left, bottom: top, right: left });
    }
    select() {
      this.context.pending.push(() => excel.select(this.name()));
    }
    name() {
      const { top, left, bottom, right } = this.where;
      const first = `${letters(left)}${top}`;
      const last = `${letters(right)}${bottom}`;
      const sheet = /^\w+$/.test(this.sheet) ? this.sheet : `'${this.sheet.replaceAll("'", "''")}'`;
      return `${sheet}!${first === last ? first : `${first}:${last}`}`;
    }
    get(name) {
      book.reads += 1;
      if (name === "address") return this.name();
      const rows = [];
      if (!this.where) return rows;
      const { cells } = book.sheets[this.sheet];
      for (let r = this.where.top; r <= this.where.bottom; r += 1) {
        const row = [];
        for (let c = this.where.left; c <= this.where.right; c += 1) {
          const { value = "", formula } = cells[`${letters(c)}${r}`] ?? {};
          if (name === "values") row.push(value);
          else if (name === "formulas") row.push(formula ?? value);
          else row.push(value === "" ? "Empty" : typeof value === "number" ? "Double" : String(value).startsWith("#") ? "Error" : "String");
        }
        rows.push(row);
      }
      return rows;
    }
  }

  class Protection extends Loadable {
    constructor(context, sheet) {
      super();
      Object.assign(this, { context, sheet });
    }
    get protected() { return this.value("protected"); }
    get options() { return this.value("options"); }
    get(name) {
      const { protection } = book.sheets[this.sheet];
      return name === "protected" ? Boolean(protection) : (protection?.options ?? null);
    }
    unprotect() {
      this.context.pending.push(() => {
        if (book.sheets[this.sheet].protection?.password) throw new Error("The password is missing.");
        book.sheets[this.sheet].protection = null;
      });
    }
    protect(options) {
      this.context.pending.push(() => (book.sheets[this.sheet].protection = { options }));
    }
  }

  class Worksheet {
    constructor(context, name) {
      if (!(name in book.sheets)) throw new Error(`there is no sheet ${name}`);
      this.context = context;
      this.name = name;
      this.protection = new Protection(context, name);
    }
    getRange(address) { return new Range(this.context, this.name, area(address)); }
    getUsedRangeOrNullObject() {
      const used = Object.keys(book.sheets[this.name].cells).map(area);
      return new Range(this.context, this.name, used.length ? {
        top: Math.min(...used.map((each) => each.top)),
        left: Math.min(...used.map((each) => each.left)),
        bottom: Math.max(...used.map((each) => each.bottom)),
        right: Math.max(...used.map((each) => each.right)),
      } : null);
    }
    activate() { this.context.pending.push(() => (book.active = this.name)); }
  }

  window.Excel = {
    async run(action) {
      const context = {
        pending: [],
        async sync() {
          await new Promise((resolve) => setTimeout(resolve, 1));
          for (const act of this.pending.splice(0)) act();
        },
      };
      const at = (address) => new Range(context, book.active, area(address));
      context.workbook = {
        application: { calculate: () => context.pending.push(() => (book.calculated += 1)) },
        getActiveCell: () => at(book.selected.split(":")[0]),
        getSelectedRange: () => at(book.selected),
        onSelectionChanged: { add: (listener) => context.pending.push(() => book.listeners.push(listener)) },
        worksheets: {
          getItem: (name) => new Worksheet(context, name),
          getActiveWorksheet: () => new Worksheet(context, book.active),
          load: () => ({ items: Object.keys(book.sheets).map((name) => new Worksheet(context, name)) }),
        },
      };
      const result = await action(context);
      await context.sync();
      return result;
    },
  };

  // --- what a test does ----------------------------------------------------------------------------------------------

  window.excel = {
    book,
    registered: () => Object.keys(functions),
    /** Put values in cells by address: `{"Sheet1!A1": 5}`. */
    fill(values) {
      for (const [address, value] of Object.entries(values)) {
        const [, sheet, cell] = /^(.*)!(.*)$/.exec(address);
        book.sheets[sheet] ??= { cells: {} };
        book.sheets[sheet].cells[cell] = typeof value === "string" && value.startsWith("=") ? { formula: value } : { value };
      }
    },
    select(address) {
      const [, sheet, cells] = /^'?(.*?)'?!(.*)$/.exec(address);
      book.active = sheet;
      book.selected = cells;
      for (const listener of book.listeners) listener();
    },
    async calculate(calls) {
      const listed = await (await fetch("functions.json")).json();
      const metadata = Object.fromEntries(listed.functions.map((each) => [each.id, each]));
      return Promise.all(calls.map((call) => calculateOne(call, metadata)));
    },
  };
}

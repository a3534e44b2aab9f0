// What a page does besides htmx: the position of a device, and sheets that are edited like a spreadsheet.
"use strict";

function offerPosition(button) {
  if (!navigator.geolocation || !window.isSecureContext) return;
  button.hidden = false;
  button.addEventListener("click", () => {
    button.disabled = true;
    navigator.geolocation.getCurrentPosition(
      (found) => {
        const field = document.getElementById(button.dataset.locate);
        field.value = `${found.coords.latitude.toFixed(4)} ${found.coords.longitude.toFixed(4)}`;
        button.disabled = false;
      },
      () => {
        button.textContent = "This device does not tell its position";
      },
      { timeout: 15000 },
    );
  });
}

// Changes are sent one after another: each says which version it was made on.
let sending = Promise.resolve();

function send(values) {
  sending = sending.then(() => {
    const state = document.getElementById("state");
    const columns = document.getElementById("editor").dataset.columns;
    return htmx.ajax("POST", `/structures/${state.dataset.number}/edit`, {
      source: state,
      target: state,
      swap: "outerHTML",
      values: { expecting: state.dataset.version, columns, ...values },
    });
  });
  return sending;
}

function isCell(element) {
  return element.id && element.matches("#editor input, #editor select") && !element.closest("#state");
}

function rowsOf(cell) {
  const rows = [...cell.closest("tbody").rows];
  const row = cell.closest("tr");
  return { rows, at: rows.indexOf(row), column: cell.closest("td").cellIndex };
}

function cellAt(row, column) {
  return row?.cells[column]?.querySelector("input, select") ?? null;
}

function moveBy(cell, step) {
  if (!cell.closest("tbody")) return false;
  const { rows, at, column } = rowsOf(cell);
  const next = cellAt(rows[at + step], column);
  next?.focus();
  next?.select?.();
  return next !== null;
}

function nextRow(where) {
  return where.replace(/\[(\d+)\]$/, (_, number) => `[${Number(number) + 1}]`);
}

// Text copied from a spreadsheet fills cells to the right and below; rows that are not there yet are made.
function paste(event) {
  const cell = event.target;
  if (!isCell(cell) || !cell.closest("tbody")) return;
  const text = event.clipboardData.getData("text").replace(/\r?\n$/, "");
  if (!/[\t\n]/.test(text)) return;
  event.preventDefault();
  const { rows, at, column } = rowsOf(cell);
  const last = rows[rows.length - 1].dataset.row;
  const cells = {};
  let beyond = last;
  text.split(/\r?\n/).forEach((line, down) => {
    const row = rows[at + down];
    if (!row) beyond = nextRow(beyond);
    line.split("\t").forEach((value, right) => {
      const model = cellAt(rows[Math.min(at + down, rows.length - 1)], column + right);
      if (!model) return;
      cells[row ? model.id : model.id.replace(last, beyond)] = value.trim();
    });
  });
  send({ cells: JSON.stringify(cells) });
}

function keys(event) {
  const cell = event.target;
  if (!isCell(cell)) return;
  const typed = cell.matches("input");
  const undoes = (event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && cell.value === cell.defaultValue;
  if (undoes) {
    event.preventDefault();
    document.getElementById(event.shiftKey ? "redo" : "undo")?.click();
  } else if (event.key === "Enter" || (typed && ["ArrowDown", "ArrowUp"].includes(event.key))) {
    const up = event.key === "ArrowUp" || (event.key === "Enter" && event.shiftKey);
    if (moveBy(cell, up ? -1 : 1) || event.key === "Enter") event.preventDefault();
    if (event.key === "Enter" && document.activeElement === cell) cell.blur();
  }
}

// What is wrong stands in a list above the sheets, which the server writes, and beside each cell.
function markWrong() {
  document.querySelectorAll("#editor .wrong").forEach((one) => one.remove());
  document.querySelectorAll("#editor [aria-invalid]").forEach((one) => one.removeAttribute("aria-invalid"));
  document.querySelectorAll("#state [data-where]").forEach((link, number) => {
    const cell = document.getElementById(link.dataset.where) ?? document.querySelector(`[data-row="${CSS.escape(link.dataset.where)}"] input`);
    if (!cell) return;
    const said = document.createElement("p");
    said.className = "wrong";
    said.id = `wrong-${number}`;
    said.textContent = link.nextElementSibling.textContent;
    cell.setAttribute("aria-invalid", "true");
    cell.setAttribute("aria-describedby", said.id);
    cell.after(said);
  });
}

// On a phone every sheet but the first is folded until somebody opens it; the choice outlives a change of rows.
const opened = new Map();

function foldSheets() {
  const narrow = window.matchMedia("(max-width: 46rem)").matches;
  document.querySelectorAll(".sheet-fold:not([data-told])").forEach((fold, number) => {
    fold.dataset.told = "";
    const name = fold.dataset.sheet;
    fold.open = opened.get(name) ?? (!narrow || number === 0);
    fold.addEventListener("toggle", () => opened.set(name, fold.open));
  });
}

function showCell(where) {
  const cell = document.getElementById(where) ?? document.querySelector(`[data-row="${CSS.escape(where)}"] input`);
  const fold = cell?.closest(".sheet-fold");
  if (fold) fold.open = true;
  cell?.focus();
}

function settle() {
  foldSheets();
  document.querySelectorAll("[data-locate]").forEach(offerPosition);
  if (document.getElementById("state")) markWrong();
  document.getElementById("wrong-list")?.focus();
}

document.addEventListener("DOMContentLoaded", () => {
  settle();
  if (location.hash) showCell(decodeURIComponent(location.hash.slice(1)));
  document.body.addEventListener("htmx:afterSettle", settle);
  document.addEventListener("keydown", keys);
  document.addEventListener("paste", paste);
  document.addEventListener("change", (event) => {
    const cell = event.target;
    if (!isCell(cell)) return;
    cell.defaultValue = cell.value;
    send({ where: cell.id, value: cell.value });
  });
  document.addEventListener("click", (event) => {
    const link = event.target.closest("[data-where]");
    if (link) {
      event.preventDefault();
      showCell(link.dataset.where);
    }
    const button = event.target.closest("[data-add], [data-remove]");
    if (!button) return;
    const { add, remove } = button.dataset;
    send(add ? { add } : { remove });
  });
});

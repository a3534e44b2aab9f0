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

// Cells of a version that is not edited, or of somebody who only reads, can be copied and take nothing.
function takes(cell) {
  return !cell.readOnly && !cell.disabled;
}

function isCell(element) {
  return element.id && element.matches("#editor input, #editor select") && !element.closest("#state, .add-to");
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

// A block of cells: from the cell that is being edited to the one that was clicked with Shift.
let block = [];
let reach = null;

function pick(cell, to) {
  const from = rowsOf(cell);
  const end = rowsOf(to);
  const between = (one, other) => [Math.min(one, other), Math.max(one, other)];
  const [top, bottom] = between(from.at, end.at);
  const [left, right] = between(from.column, end.column);
  drop();
  block = from.rows.slice(top, bottom + 1).map((row) => [...row.cells].slice(left, right + 1));
  block.flat().forEach((one) => one.classList.add("picked"));
  reach = to;
}

// The same by keyboard: Alt+Shift with an arrow.
function pickFurther(cell, key) {
  const { rows, at, column } = rowsOf(block.length && reach.isConnected ? reach : cell);
  const down = { ArrowDown: 1, ArrowUp: -1 }[key] ?? 0;
  const right = { ArrowRight: 1, ArrowLeft: -1 }[key] ?? 0;
  const to = cellAt(rows[at + down], column + right);
  if (to) pick(cell, to);
}

function drop() {
  block.flat().forEach((one) => one.classList.remove("picked"));
  block = [];
}

function shownIn(cell) {
  const field = cell.querySelector("input, select");
  if (!field) return cell.tagName === "TH" ? cell.textContent.trim() : "";
  return field.matches("select") ? (field.selectedOptions[0]?.textContent ?? "") : field.value;
}

function copy(event) {
  if (!block.length) return;
  event.preventDefault();
  const quoted = (text) => (/^"|[\t\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  const lines = block.map((cells) => cells.map((one) => quoted(shownIn(one))).join("\t"));
  event.clipboardData.setData("text/plain", lines.join("\n"));
}

// A cell on paper is no field: its words stand beside it, where they can wrap. What the list it is picked from
// calls it is said in place of a key, such as that of a code.
function saidOf(cell) {
  const key = shownIn(cell.parentElement);
  const picked = [...(cell.list?.options ?? [])].find((one) => one.value === key);
  return picked?.textContent || key;
}

function sayOnPaper() {
  document.querySelectorAll("#editor :is(input, select)").forEach((cell) => {
    if (isCell(cell)) cell.parentElement.dataset.said = saidOf(cell) || "\u2013";
  });
}

// Text copied from the sheet or a spreadsheet fills cells to the right and below; the server makes the rows
// that are not there yet.
function paste(event) {
  const cell = event.target;
  if (!isCell(cell) || !takes(cell) || !cell.closest("tbody")) return;
  const text = event.clipboardData.getData("text").replace(/\r?\n$/, "");
  if (cell.matches("input") && !/[\t\n]/.test(text)) return;
  event.preventDefault();
  const heads = [...cell.closest("table").tHead.rows[0].cells].slice(cell.closest("td").cellIndex);
  send({
    where: cell.closest("tr").dataset.row,
    heads: heads.filter((one) => "head" in one.dataset).map((one) => one.dataset.head).join(","),
    block: text,
  });
}

function undoesBy(event, cell) {
  if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return false;
  const isTyping = cell.matches("input, textarea") && cell.value !== cell.defaultValue;
  return !isTyping && (isCell(cell) || cell === document.body);
}

function keys(event) {
  const cell = event.target;
  if (document.getElementById("editor") && undoesBy(event, cell)) {
    event.preventDefault();
    document.getElementById(event.shiftKey ? "redo" : "undo")?.click();
    return;
  }
  if (!isCell(cell)) return;
  if (event.altKey && event.shiftKey && event.key.startsWith("Arrow") && cell.closest("tbody")) {
    event.preventDefault();
    pickFurther(cell, event.key);
    return;
  }
  const typed = cell.matches("input");
  if (event.key === "Enter" || (typed && ["ArrowDown", "ArrowUp"].includes(event.key))) {
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
    const cell = cellOf(link.dataset.where);
    if (!cell) return;
    const said = document.createElement("p");
    said.className = "wrong";
    said.id = `wrong-${number}`;
    said.textContent = link.nextElementSibling.textContent;
    const others = cell.getAttribute("aria-invalid") ? `${cell.getAttribute("aria-describedby")} ` : "";
    cell.setAttribute("aria-invalid", "true");
    cell.setAttribute("aria-describedby", others + said.id);
    cell.parentElement.append(said);
  });
}

function cellOf(where) {
  return document.getElementById(where) ?? document.querySelector(`[data-row="${CSS.escape(where)}"] input`);
}

// What was typed while somebody else saved stands beside its cell too, until one of the two is chosen.
function showMine() {
  const mine = document.getElementById("mine");
  const cell = mine?.dataset.cell && cellOf(mine.dataset.cell);
  if (!cell) return;
  const said = document.createElement("p");
  said.className = "wrong mine";
  said.textContent = `You typed “${mine.dataset.typed}”.`;
  cell.parentElement.append(said);
}

function choose(button) {
  const mine = document.getElementById("mine");
  const cell = cellOf(mine.dataset.cell);
  document.querySelectorAll(".mine").forEach((one) => one.remove());
  document.getElementById("wrong-list").remove();
  if (button.dataset.mine === "put" && cell) {
    cell.value = cell.defaultValue = mine.dataset.typed;
    send({ where: mine.dataset.cell, value: mine.dataset.typed });
  }
  if (cell) showCell(mine.dataset.cell);
}

// What is being typed outlives the sheet being put anew.
let typing = null;

function rememberTyping() {
  const cell = document.activeElement;
  typing = cell && isCell(cell) ? { id: cell.id, value: cell.matches("input") && cell.value !== cell.defaultValue ? cell.value : null } : null;
}

function goOnTyping() {
  const cell = typing && document.getElementById(typing.id);
  if (cell && document.activeElement !== cell && !document.getElementById("wrong-list")) cell.focus({ preventScroll: true });
  if (cell && typing.value !== null) cell.value = typing.value;
  typing = null;
}

// Whoever works by keyboard goes on where the rows moved: in the new row, or in the one that took the place of
// a row that is gone; after Undo and Redo, where they were.
let moved = null;
const RETURN_TO = "longhold-return-to";

function rememberRow({ add, remove }) {
  const body = remove && document.querySelector(`[data-row="${CSS.escape(remove)}"]`)?.closest("tbody");
  const at = body ? [...body.rows].findIndex((row) => row.dataset.row === remove) : 0;
  moved = { add, at, sheet: body?.closest(".sheet-fold").dataset.sheet };
}

function goOnInRow() {
  if (!moved) return;
  const { add, at, sheet } = moved;
  const added = (row) => row.dataset.row.startsWith(add) && /^(\[\d+\]|\.[^.[]+)$/.test(row.dataset.row.slice(add.length));
  const rows = [...document.querySelectorAll(add ? "[data-row]" : `[data-sheet="${sheet}"] [data-row]`)];
  const row = add ? rows.filter(added).at(-1) : rows[Math.min(at, rows.length - 1)];
  if (!document.getElementById("wrong-list")) row?.querySelector(add ? "input, select" : "[data-remove]")?.focus();
  moved = null;
}

function goOnAfterUndo() {
  const id = sessionStorage.getItem(RETURN_TO);
  sessionStorage.removeItem(RETURN_TO);
  if (id && document.getElementById("state")) (cellOf(id) ? showCell(id) : document.getElementById(id)?.focus());
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

// On a phone a row shows the fields that are usual or filled in; the others unfold.
function openFields(button, open = true) {
  button.closest("tr").classList.toggle("opened", open);
  button.setAttribute("aria-expanded", open);
}

function showCell(where) {
  const cell = cellOf(where);
  const fold = cell?.closest(".sheet-fold");
  if (fold) fold.open = true;
  const more = cell?.closest(".spare")?.closest("tr")?.querySelector("[data-fields]");
  if (more) openFields(more);
  cell?.focus();
}

// Whether a table goes on beyond the edge of its frame, for those who see no bar to scroll by.
function sayMore(pan) {
  const more = () => pan.toggleAttribute("data-more", pan.scrollLeft + pan.clientWidth < pan.scrollWidth - 4);
  new ResizeObserver(more).observe(pan);
  pan.addEventListener("scroll", more, { passive: true });
  more();
}

function settle() {
  foldSheets();
  document.querySelectorAll(".pan").forEach(sayMore);
  document.querySelectorAll("[data-locate]").forEach(offerPosition);
  if (document.getElementById("state")) {
    markWrong();
    showMine();
    goOnTyping();
    goOnInRow();
  }
  document.getElementById("wrong-list")?.focus();
}

document.addEventListener("DOMContentLoaded", () => {
  settle();
  goOnAfterUndo();
  if (location.hash) showCell(decodeURIComponent(location.hash.slice(1)));
  document.body.addEventListener("htmx:afterSettle", settle);
  window.addEventListener("beforeprint", sayOnPaper);
  document.addEventListener("keydown", keys);
  document.addEventListener("paste", paste);
  document.addEventListener("copy", copy);
  document.body.addEventListener("htmx:beforeSwap", rememberTyping);
  document.addEventListener("mousedown", (event) => {
    const [cell, to] = [document.activeElement, event.target];
    const together = isCell(cell) && isCell(to) && cell.closest("tbody") && cell.closest("tbody") === to.closest("tbody");
    if (!event.shiftKey || !together) return drop();
    event.preventDefault();
    pick(cell, to);
  });
  document.addEventListener("submit", (event) => {
    const id = document.activeElement.id;
    if (id && event.target.querySelector("#undo, #redo")) sessionStorage.setItem(RETURN_TO, id);
  });
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
    const fields = event.target.closest("[data-fields]");
    if (fields) openFields(fields, fields.getAttribute("aria-expanded") === "false");
    const chosen = event.target.closest("[data-mine]");
    if (chosen) choose(chosen);
    const button = event.target.closest("[data-add], [data-add-to], [data-remove]");
    if (!button) return;
    const { addTo, empty, remove } = button.dataset;
    const add = addTo ? document.getElementById(addTo).value : button.dataset.add;
    send(add ? { add, ...(empty && { empty }) } : { remove });
    rememberRow(add ? { add } : { remove });
  });
});

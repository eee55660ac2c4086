const WITH_COMMA = /^\s*([-+]?\d*),(\d+)\s*$/;
const FORM = "[data-testid=stForm]";
const SEND = "[data-testid=stFormSubmitButton]";
const unsent = new Set();

function isFigure(at) {
  return at instanceof HTMLInputElement && at.type === "number" && !at.readOnly && !at.disabled;
}

function isText(at) {
  return at instanceof HTMLTextAreaElement ||
    (at instanceof HTMLInputElement && ["text", "number", "password"].includes(at.type));
}

function comma(event) {
  if (!isFigure(event.target) || event.isComposing || event.inputType !== "insertText" || event.data !== ",") return;
  event.preventDefault();
  document.execCommand("insertText", false, ".");
}

function pasted(event) {
  if (!isFigure(event.target)) return;
  const found = WITH_COMMA.exec(event.clipboardData?.getData("text/plain") ?? "");
  if (!found) return;
  event.preventDefault();
  document.execCommand("insertText", false, `${found[1]}.${found[2]}`);
}

function typed(event) {
  const at = event.target;
  if (!isText(at)) return;
  if (at.value || !at.closest(FORM)) unsent.add(at);
  else unsent.delete(at);
}

function left(event) {
  if (isText(event.target) && !event.target.closest(FORM)) unsent.delete(event.target);
}

function sent(form) {
  for (const at of unsent) if (at.closest(FORM) === form) unsent.delete(at);
}

function pressed(event) {
  const at = event.target;
  const line = at instanceof HTMLInputElement || event.ctrlKey || event.metaKey;
  if (event.key === "Enter" && isText(at) && line) sent(at.closest(FORM));
}

function clicked(event) {
  const button = event.target instanceof Element && event.target.closest(SEND);
  if (button) sent(button.closest(FORM));
}

function leaving(event) {
  for (const at of unsent) if (!at.isConnected) unsent.delete(at);
  if (unsent.size) event.preventDefault();
  document.activeElement?.blur?.();
}

const heard = [["beforeinput", comma], ["paste", pasted], ["input", typed], ["focusout", left], ["keydown", pressed],
  ["click", clicked]];

export default function () {
  if (globalThis.finishplanTyping) return;
  globalThis.finishplanTyping = true;
  for (const [what, act] of heard) document.addEventListener(what, act, true);
  window.addEventListener("beforeunload", leaving);
}

const WITH_COMMA = /^\s*([-+]?\d*),(\d+)\s*$/;

function box(event) {
  const at = event.target;
  return at instanceof HTMLInputElement && at.type === "number" && !at.readOnly && !at.disabled;
}

function typed(event) {
  if (!box(event) || event.isComposing || event.inputType !== "insertText" || event.data !== ",") return;
  event.preventDefault();
  document.execCommand("insertText", false, ".");
}

function pasted(event) {
  if (!box(event)) return;
  const found = WITH_COMMA.exec(event.clipboardData?.getData("text/plain") ?? "");
  if (!found) return;
  event.preventDefault();
  document.execCommand("insertText", false, `${found[1]}.${found[2]}`);
}

export default function () {
  document.addEventListener("beforeinput", typed, true);
  document.addEventListener("paste", pasted, true);
  return () => {
    document.removeEventListener("beforeinput", typed, true);
    document.removeEventListener("paste", pasted, true);
  };
}

// Makes a passkey, or signs in with one. Where this script does not run, and in a
// browser that cannot, the password does.
"use strict";

const CAN = Boolean(window.PublicKeyCredential);
const SAID = {
  NotAllowedError: "Nothing was done: it was called off, or it took too long. Try again, or leave it.",
  InvalidStateError: "This device keeps a passkey of yours for here already.",
  SecurityError: "The browser gives no passkeys to this address.",
  NotSupportedError: "This device makes no passkeys of this kind.",
  ConstraintError: "This device makes no passkeys of this kind: it has to keep them itself and ask who you are.",
  Unanswered: "The service did not answer. Try again.",
};

const bytes = (text) =>
  Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (c) => c.charCodeAt(0));
const text = (buffer) =>
  buffer && btoa(String.fromCharCode(...new Uint8Array(buffer)))
    .replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
const named = (list) => (list ?? []).map((one) => ({ ...one, id: bytes(one.id) }));

// The same with every field of bytes as text.
function sent(credential) {
  const response = {};
  for (const field of ["attestationObject", "authenticatorData", "clientDataJSON", "signature", "userHandle"]) {
    if (field in credential.response) response[field] = text(credential.response[field]);
  }
  return { id: credential.id, rawId: text(credential.rawId), type: credential.type, response };
}

async function make(form) {
  const asked = JSON.parse(form.dataset.options);
  return navigator.credentials.create({
    publicKey: {
      ...asked,
      challenge: bytes(asked.challenge),
      user: { ...asked.user, id: bytes(asked.user.id) },
      excludeCredentials: named(asked.excludeCredentials),
    },
  });
}

async function show(form) {
  const answer = await fetch(`${form.action}/ask`, { method: "POST" }).catch(() => null);
  if (!answer?.ok) throw new DOMException("", "Unanswered");
  const { ceremony, options } = await answer.json();
  form.elements.ceremony.value = ceremony;
  return navigator.credentials.get({
    publicKey: { ...options, challenge: bytes(options.challenge), allowCredentials: named(options.allowCredentials) },
  });
}

for (const part of document.querySelectorAll("[data-passkey]")) {
  part.hidden = (part.dataset.passkey === "cannot") === CAN;
  const ask = { make, show }[part.dataset.passkey];
  if (!ask) continue;
  const say = part.querySelector("[role=status]");
  const button = part.querySelector("button");
  // Come back to by the browser's own key, the page begins again.
  addEventListener("pageshow", () => { button.disabled = false; say.textContent = ""; });
  part.addEventListener("submit", async (event) => {
    event.preventDefault();
    button.disabled = true;
    say.textContent = "The device asks you now.";
    try {
      part.elements.answer.value = JSON.stringify(sent(await ask(part)));
      part.submit();
    } catch (error) {
      say.textContent = SAID[error.name] ?? `The browser could not do it (${error.name}).`;
      button.disabled = false;
    }
  });
}

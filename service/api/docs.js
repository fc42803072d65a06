// Shows /openapi.json as a page. Text goes in as text only, never as markup.
"use strict";

function add(parent, tag, text, attributes) {
  const element = document.createElement(tag);
  if (text !== undefined) element.textContent = text;
  for (const [name, value] of Object.entries(attributes || {})) element.setAttribute(name, value);
  parent.append(element);
  return element;
}

function addTable(parent, heads, rows) {
  const table = add(parent, "table");
  const head = add(add(table, "thead"), "tr");
  for (const text of heads) add(head, "th", text, { scope: "col" });
  const body = add(table, "tbody");
  for (const row of rows) {
    const line = add(body, "tr");
    for (const text of row) add(line, "td", text);
  }
}

function shown(value) {
  return typeof value === "string" ? value : JSON.stringify(value, null, 2);
}

function addContent(parent, title, content) {
  for (const [type, { schema, example }] of Object.entries(content || {})) {
    if (example !== undefined) {
      add(parent, "h4", `${title}: example, ${type}`);
      add(parent, "pre", shown(example));
    }
    if (schema) {
      const details = add(parent, "details");
      add(details, "summary", `${title}: schema, ${type}`);
      add(details, "pre", shown(schema));
    }
  }
}

function addOperation(parent, contents, method, path, operation) {
  const id = operation.operationId;
  add(add(contents, "li"), "a", `${method.toUpperCase()} ${path}`, { href: `#${id}` });
  const section = add(parent, "section", undefined, { "aria-labelledby": id });
  add(section, "h2", operation.summary, { id });
  add(add(section, "p"), "code", `${method.toUpperCase()} ${path}`);
  add(section, "p", operation.description);
  if (operation.parameters) {
    add(section, "h3", "Parameters");
    addTable(section, ["name", "in", "required", "what it is"], operation.parameters.map(
      (parameter) => [parameter.name, parameter.in, parameter.required ? "yes" : "no", parameter.description || ""]));
  }
  if (operation.requestBody) addContent(section, "Request", operation.requestBody.content);
  add(section, "h3", "Answers");
  addTable(section, ["status", "meaning", "media types"], Object.entries(operation.responses).map(
    ([status, answer]) => [status, answer.description, Object.keys(answer.content || {}).join(", ")]));
  addContent(section, "Answer", (operation.responses["200"] || {}).content);
}

async function show() {
  const about = document.getElementById("about");
  const answer = await fetch("/openapi.json");
  if (!answer.ok) throw new Error(`/openapi.json answered ${answer.status}`);
  const api = await answer.json();
  about.textContent = `Version ${api.info.version}. ${api.info.description} `;
  add(about, "a", "The whole document as JSON.", { href: "/openapi.json" });
  const contents = document.getElementById("contents");
  const main = document.getElementById("operations");
  for (const [path, methods] of Object.entries(api.paths)) {
    for (const [method, operation] of Object.entries(methods)) addOperation(main, contents, method, path, operation);
  }
  add(main, "h2", "Schemas");
  for (const [name, schema] of Object.entries(api.components.schemas)) {
    const details = add(main, "details");
    add(details, "summary", name);
    add(details, "pre", shown(schema));
  }
}

show().catch((error) => {
  document.getElementById("about").textContent = `The document cannot be shown: ${error.message}`;
});

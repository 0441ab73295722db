// SPDX-License-Identifier: MIT
"use strict";

// An element with attributes and children; text never becomes markup. An attribute that is null is left out.
function element(name, attributes, ...children) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes || {}))
        if (value !== null && value !== undefined)
            made.setAttribute(key, value);
    made.append(...children.filter((child) => child !== null && child !== undefined));
    return made;
}

// A plain table: `heads` and each row's first cell are headers.
function plainTable(caption, heads, rows) {
    const headRow = element("tr", {}, ...heads.map((head) => element("th", {scope: "col"}, head)));
    const body = rows.map((row) => element("tr", {}, ...row.map((cell, column) =>
        column === 0 ? element("th", {scope: "row"}, cell) : element("td", {}, cell))));
    const table = element("table", {class: "figures"}, element("caption", {}, caption),
                          element("thead", {}, headRow), element("tbody", {}, ...body));
    return scrollBox(caption, table);
}

// What is too wide scrolls in its own box, by keys as well.
function scrollBox(name, child) {
    return element("div", {class: "scroll", role: "region", "aria-label": name, tabindex: "0"}, child);
}

function radioRow(legend, name, choices, chosen, onChange) {
    const row = element("fieldset", {class: "choices"}, element("legend", {}, legend));
    choices.forEach(([value, text]) => {
        const input = element("input", {type: "radio", name, value});
        input.checked = value === chosen;
        input.addEventListener("change", () => onChange(value));
        row.append(element("label", {}, input, text));
    });
    return row;
}

// Two buttons and what is in view, for what is shown a part at a time.
function pager(back, on) {
    const button = (text, does) => {
        const made = element("button", {type: "button"}, text);
        made.addEventListener("click", does);
        return made;
    };
    const [earlier, later] = [button("Earlier notes", back), button("Later notes", on)];
    const where = element("span", {class: "where", role: "status"});
    const tell = (part, parts, text) => {
        earlier.disabled = part <= 0;
        later.disabled = part >= parts - 1;
        where.textContent = text;
    };
    return {box: element("div", {class: "pager"}, earlier, later, where), tell};
}

// Keys that belong to a control stay with it.
function takesKeys(target) {
    return target instanceof Element && target.closest("select, input[type=text], textarea") !== null;
}

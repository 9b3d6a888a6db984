// A box above each long table of the reference: only the rows that hold every word typed stay.
document.addEventListener("DOMContentLoaded", () => {
  document.querySelectorAll("table.filtered").forEach((table) => {
    const box = document.createElement("input");
    box.type = "search";
    box.className = "table-filter";
    box.placeholder = "Filter the rows of this table";
    box.setAttribute("aria-label", box.placeholder);
    const rows = [...table.tBodies].flatMap((body) => [...body.rows]);
    box.addEventListener("input", () => {
      const words = box.value.toLowerCase().split(/\s+/).filter(Boolean);
      rows.forEach((row) => {
        const text = row.textContent.toLowerCase();
        row.hidden = !words.every((word) => text.includes(word));
      });
    });
    const outer = table.closest(".pst-scrollable-table-container") ?? table;
    outer.parentNode.insertBefore(box, outer);
  });
});

// On a phone each cell of such a table stands below its heading, which the style sheet takes from here.
document.addEventListener("DOMContentLoaded", () => {
  document.querySelectorAll("table.stacked").forEach((table) => {
    const headings = [...table.tHead.rows[0].cells].map((cell) => cell.textContent);
    [...table.tBodies].flatMap((body) => [...body.rows]).forEach((row) => {
      [...row.cells].forEach((cell, at) => {
        cell.dataset.heading = headings[at];
        cell.classList.toggle("nothing", !cell.textContent.trim());
      });
    });
  });
});

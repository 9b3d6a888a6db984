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

// Sorts the lots of the decision book within each group when a column's head is pressed.
// Without it the book reads in its own order; nothing else depends on this file.
(function () {
  "use strict";
  var table = document.querySelector("table.book");
  if (!table) return;
  var heads = table.querySelectorAll("thead th[data-by]");

  function valueOf(row, place) {
    var cell = row.children[place];
    return cell ? cell.getAttribute("data-sort") || "" : "";
  }

  function compare(a, b) {
    if (a === "" || b === "") return (a === "") - (b === "");
    var left = Number(a), right = Number(b);
    if (!isNaN(left) && !isNaN(right)) return left - right;
    return a.localeCompare(b, "en", { numeric: true });
  }

  function sortBy(head, downward) {
    var place = Array.prototype.indexOf.call(head.parentNode.children, head);
    Array.prototype.forEach.call(table.tBodies, function (body) {
      var rows = Array.prototype.slice.call(body.rows, 1);
      rows.sort(function (one, other) {
        var a = valueOf(one, place), b = valueOf(other, place);
        // What is missing stays last whichever way the column runs.
        return a === "" || b === "" || !downward ? compare(a, b) : compare(b, a);
      });
      rows.forEach(function (row) { body.appendChild(row); });
    });
    heads.forEach(function (each) { each.removeAttribute("aria-sort"); });
    head.setAttribute("aria-sort", downward ? "descending" : "ascending");
  }

  heads.forEach(function (head) {
    var label = head.querySelector(".by");
    var button = document.createElement("button");
    button.type = "button";
    button.className = "by";
    button.textContent = label.textContent;
    label.replaceWith(button);
    button.addEventListener("click", function () {
      var now = head.getAttribute("aria-sort");
      sortBy(head, now === null ? head.dataset.by === "overall" : now === "ascending");
    });
  });
})();

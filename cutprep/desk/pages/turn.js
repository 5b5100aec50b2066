// The folded parts, to turn and to fold: the same view as on the making sheet.
export function turns(root) {
  for (const figure of root.querySelectorAll("figure.turntable")) {
    const data = fetch(figure.dataset.fold).then((answer) => answer.json());
    // A closed section has no size; the view is made when it is opened.
    const watch = new ResizeObserver(async () => {
      if (!figure.clientWidth || !window.turntable) { return; }
      watch.disconnect();
      window.turntable(window, figure.id, await data);
    });
    watch.observe(figure);
  }
}

// How large a millimetre is on this screen: set once with a bank card, and kept by the browser, since it belongs to the screen.
// ISO/IEC 7810:2019, ID-1: a card is 85.60 mm wide and 53.98 mm high.
const CARD = [85.60, 53.98], STATED = 96 / 25.4; // CSS pixels a millimetre, as the screen states it
const KEY = "cutprep-screen";

function factor() {
  const kept = Number(window.localStorage.getItem(KEY));
  return kept >= 0.5 && kept <= 2 ? kept : 1;
}

export function pixelsPerMm() { return STATED * factor(); }

export function screens(root) {
  const frame = root.querySelector(".bank-card"), slider = root.querySelector("#screen-scale");
  if (!frame) { return; }
  const show = () => {
    const scale = Number(slider.value) * STATED;
    frame.style.width = `${CARD[0] * scale}px`;
    frame.style.height = `${CARD[1] * scale}px`;
    slider.nextElementSibling.textContent = `${Math.round(100 * slider.value)} %`;
  };
  slider.value = factor();
  slider.addEventListener("input", () => { window.localStorage.setItem(KEY, slider.value); show(); });
  show();
}

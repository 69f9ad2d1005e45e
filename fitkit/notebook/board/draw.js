// Elements made, and texts measured: what every picture of ours is drawn with.

const NS = "http://www.w3.org/2000/svg";

function node(parent, name, attributes = {}, text = null) {
  const made = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text !== null) made.textContent = text;
  if (parent) parent.appendChild(made);
  return made;
}

function tag(parent, name, attributes = {}, text = null) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text !== null) made.textContent = text;
  if (parent) parent.appendChild(made);
  return made;
}

function clear(element) {
  while (element.firstChild) element.removeChild(element.firstChild);
}

// widths of texts as the browser will draw them
const ruler = { context: null, known: new Map() };
function textWidth(text, size, weight = 400) {
  const key = `${weight} ${size} ${text}`;
  if (!ruler.known.has(key)) {
    if (!ruler.context) ruler.context = document.createElement("canvas").getContext("2d");
    ruler.context.font = `${weight} ${size}px "IBM Plex Sans", "Source Sans 3", "DejaVu Sans", sans-serif`;
    if (ruler.known.size > 4000) ruler.known.clear();
    ruler.known.set(key, ruler.context.measureText(text).width);
  }
  return ruler.known.get(key);
}

// Reads or writes one value of the browser's own storage; draws nothing, fetches nothing.
export default function ({ data, setStateValue }) {
  const name = "diving-planner-desk";
  try {
    if (data.desk) localStorage.setItem(name, data.desk);
    else setStateValue("desk", localStorage.getItem(name) || "");
  } catch { /* A browser that keeps nothing offers nothing. */ }
}

// Style sheets that are loaded when what they are for is first needed.

const loaded = new Map();

/** Loads a style sheet beside this file once; settled when it holds. */
export function style(name) {
  if (!loaded.has(name)) {
    loaded.set(name, new Promise((done, failed) => {
      const link = document.createElement('link');
      link.rel = 'stylesheet';
      link.href = new URL(`./${name}`, import.meta.url).pathname;
      link.onload = () => done();
      link.onerror = () => { link.remove(); loaded.delete(name); failed(new Error(name)); };
      document.head.append(link);
    }));
  }
  return loaded.get(name);
}

// Light or dark and the size of the text, as they were chosen, before anything is drawn.
(() => {
  try {
    const theme = localStorage.getItem('quickthorn.theme');
    const size = localStorage.getItem('quickthorn.text');
    if (theme === 'light' || theme === 'dark') document.documentElement.dataset.theme = theme;
    if (size && /^\d{2,3}$/.test(size)) document.documentElement.style.fontSize = size + '%';
  } catch { /* without storage the system's settings hold */ }
})();

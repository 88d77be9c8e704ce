/** Whoever cannot see where it is wrong is taken there. */
export function focusFirstWrong(): void {
  document.querySelector<HTMLElement>('form [aria-invalid="true"]')?.focus();
}

/** Styles that come with a part of the page. */
declare module '*.css';

// What the catalogue's 3D view uses of three.js, and nothing else: the bundle holds only this.
export {
  Color,
  BufferAttribute,
  BufferGeometry,
  DirectionalLight,
  EdgesGeometry,
  Group,
  HemisphereLight,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshStandardMaterial,
  PerspectiveCamera,
  Scene,
  WebGLRenderer,
} from "three";
export { toCreasedNormals } from "three/examples/jsm/utils/BufferGeometryUtils.js";
